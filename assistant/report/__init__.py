"""What is said: findings, advice, questions and reasons in words, for the screen and on paper."""
