"""A drawing board on the user's own machine: a section follows the hand, and its figures follow the section."""
