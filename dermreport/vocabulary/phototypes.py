"""Skin phototype by reaction to sun (Fitzpatrick)."""

from __future__ import annotations

from dermreport.sources import MEMORY
from dermreport.vocabulary.term import Term


class Phototype(Term):
    """Skin phototype by reaction to sun (Fitzpatrick)."""

    TYPE_I = "type-i", "type I", "Always burns, never tans.", MEMORY
    TYPE_II = "type-ii", "type II", "Burns easily, tans little.", MEMORY
    TYPE_III = "type-iii", "type III", "Burns sometimes, tans gradually.", MEMORY
    TYPE_IV = "type-iv", "type IV", "Burns little, tans well.", MEMORY
    TYPE_V = "type-v", "type V", "Rarely burns, brown skin.", MEMORY
    TYPE_VI = "type-vi", "type VI", "Hardly ever burns, dark brown to black skin.", MEMORY
