"""Trade arithmetic as pure functions: no input, no output, no law; limits come in as parameters."""
