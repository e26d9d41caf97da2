"""The local page: numbers in, answers out, in a browser on this machine."""
