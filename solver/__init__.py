"""First floor: materials, the field solve, circuits and error bars."""

if __name__ == "solver":
    raise ImportError("import crosscurrent.solver: under its bare name every class would exist twice")
