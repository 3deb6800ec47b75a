"""Flat tables for people who count, and the views and queries that give the same."""
