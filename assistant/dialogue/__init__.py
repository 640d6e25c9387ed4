"""The talk: what a person's words mean, and what is said back."""
