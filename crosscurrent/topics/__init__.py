"""The further questions of a case, one file a topic."""
