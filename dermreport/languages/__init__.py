"""What rows, rules, methods and pathways are called in another language than English: a draft until it is reviewed."""
