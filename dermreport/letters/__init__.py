"""Letters: what a review says, as a letter to a colleague, to a pathologist or to the patient.

One tree of blocks (:mod:`dermreport.letters.blocks`) is composed of the review; writers turn it into plain text, HTML
or PDF and never look at the review again.
"""
