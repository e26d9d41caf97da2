"""The report: one page with everything, for paper and screen."""
