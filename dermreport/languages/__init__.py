"""Other languages than English: what rows, rules, methods and pathways are called there, each a draft until reviewed."""
