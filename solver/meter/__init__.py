"""What a meter showed on the bench: conversions, corrections of fixtures, uncertainties."""
