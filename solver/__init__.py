"""First floor: materials, the field solve, circuits and error bars."""

if __name__ == "solver":
    raise ImportError("import crosscurrent.solver: a room under its bare name would be a second copy of every class")
