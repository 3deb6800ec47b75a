"""Pathways: read from TOML files, and compared with the clinician's plan.

A pathway says what is expected; it never lowers an urgency, never holds a step back, and never objects to a plan that
is more careful.
"""
