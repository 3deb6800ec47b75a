"""One frozen value of all that the library says of an examination."""

from dermreport.reviews.review import Review, review

__all__ = ["Review", "review"]
