"""Charts of results: what is drawn is gathered without matplotlib, and drawn by it where it is installed."""
