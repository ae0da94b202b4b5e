"""Many designs of one case: what each came to, where they are kept, and who works them out."""
