"""Top floor: the case file, its reader, the run of a case; the shipped case files."""

if __name__ == "cases":
    raise ImportError("import crosscurrent.cases: a room under its bare name would be a second copy of every class")
