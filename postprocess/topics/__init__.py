"""The words, tables and records of each further question."""
