"""What is kept on disk: one journal file a consultation, sorted by car."""
