"""Views from DICOM photographs, and into them."""
