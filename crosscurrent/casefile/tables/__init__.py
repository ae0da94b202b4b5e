"""The further tables of a case file, one file a topic."""
