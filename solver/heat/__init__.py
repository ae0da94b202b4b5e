"""Temperature: conduction, convection, radiation, and the losses that follow it."""
