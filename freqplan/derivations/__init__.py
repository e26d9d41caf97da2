"""Where the formulas come from: each derived by sympy from the one equation, with the numbers of a set put in."""
