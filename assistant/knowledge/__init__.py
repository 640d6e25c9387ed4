"""What a ruleset says: its models, its reader, its conditions and their checks."""
