"""What is published for whoever receives a report: terminology, profiles, form and packages, made from the tables."""
