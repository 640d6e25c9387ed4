"""For those who write rules: checks, explanations, comparisons."""
