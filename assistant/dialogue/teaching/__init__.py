"""The trainer's view: a case step by step, with the reasoning beside it."""
