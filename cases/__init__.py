"""Top floor: the case file, its reader, the run of a case; the shipped case files."""

if __name__ == "cases":
    raise ImportError("import crosscurrent.cases: under its bare name every class would exist twice")
