"""The field of one frequency: problem, matrices, fields, losses, forces, error bars."""
