"""What leaves the program: the result as JSON, the sheet for the garage, the card to take out."""
