"""Profiles and extensions: declarative tables, the StructureDefinitions and requirements made from them."""
