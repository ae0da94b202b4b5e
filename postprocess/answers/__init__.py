"""Answers in numbers and words, tables, units, warnings and cautions."""
