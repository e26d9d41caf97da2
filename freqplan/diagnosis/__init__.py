"""From what was heard to its cause, and to the one test to do next."""
