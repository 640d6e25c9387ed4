"""From answers to conclusions: facts, the engine, the consultation, the agenda, the trail."""
