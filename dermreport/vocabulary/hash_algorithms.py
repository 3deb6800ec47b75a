"""Algorithm of a picture’s hash."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class HashAlgorithm(Term):
    """Algorithm of a picture’s hash."""

    SHA_1 = "sha-1", "SHA-1", "SHA-1, 20 bytes.", COMMON_PRACTICE
    SHA_256 = "sha-256", "SHA-256", "SHA-256, 32 bytes.", COMMON_PRACTICE
