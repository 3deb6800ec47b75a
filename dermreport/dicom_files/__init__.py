"""DICOM files: where everything in one stands, for the door and for pictures in letters."""
