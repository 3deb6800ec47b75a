"""DICOM files that the tests make with pydicom: invented people, a picture of four pixels."""

from __future__ import annotations

from functools import cache
from io import BytesIO
from typing import Any

from pydicom import dcmread, dcmwrite
from pydicom.dataset import Dataset, FileDataset, FileMetaDataset
from pydicom.uid import (
    DeflatedExplicitVRLittleEndian,
    DermoscopicPhotographyImageStorage,
    ExplicitVRBigEndian,
    ExplicitVRLittleEndian,
    ImplicitVRLittleEndian,
    JPEGBaseline8Bit,
)

#: Every encoding of PS3.5, annex A, that isn't retired without trace, and one with encapsulated pixel data.
ENCODINGS = {
    "implicit": ImplicitVRLittleEndian,
    "explicit": ExplicitVRLittleEndian,
    "big-endian": ExplicitVRBigEndian,
    "deflated": DeflatedExplicitVRLittleEndian,
    "encapsulated": JPEGBaseline8Bit,
}
#: What identifies the invented patient: nothing of it may come out of the door, but in the picture's own file.
MARKERS = ("MARKER^ZEBRA", "MRK-77123", "19010203", "Marker Street", "555-MARKER", "MARKER^DOCTOR", "ACC-MARKER")
INSTANCE = "1.2.826.0.1.3680043.8.498.1"
TRACKING_UID = "2.25.329800735698586629295641978511506172918"
PIXELS = bytes(range(12))


def code(value: str, scheme: str, meaning: str) -> Dataset:
    item = Dataset()
    item.CodeValue, item.CodingSchemeDesignator, item.CodeMeaning = value, scheme, meaning
    return item


def patient(data_set: Dataset) -> None:
    """Put the invented patient in: PS3.3, C.7.1.1, C.7.2.1, C.7.2.2."""
    data_set.PatientName, data_set.PatientID, data_set.PatientBirthDate = MARKERS[:3]
    data_set.PatientAddress, data_set.PatientTelephoneNumbers = MARKERS[3], MARKERS[4]
    data_set.ReferringPhysicianName, data_set.AccessionNumber = MARKERS[5], MARKERS[6]
    data_set.PatientSex, data_set.StudyID, data_set.StudyDate, data_set.StudyTime = "", "", "", ""


def picture(transfer_syntax: str = ExplicitVRLittleEndian, **attributes: Any) -> bytes:
    """Return a dermoscopic photograph of A.32.11 (PS3.3) as bytes; ``None`` takes an attribute out."""
    data_set = Dataset()
    patient(data_set)
    data_set.SOPClassUID, data_set.SOPInstanceUID = DermoscopicPhotographyImageStorage, INSTANCE
    data_set.StudyInstanceUID, data_set.SeriesInstanceUID = f"{INSTANCE}.1", f"{INSTANCE}.2"
    data_set.Modality, data_set.SeriesNumber, data_set.InstanceNumber = "DMS", "1", "1"
    data_set.ImageType = ["ORIGINAL", "PRIMARY"]
    data_set.InstanceCreationDate, data_set.InstanceCreationTime = "20260304", "101530"
    data_set.AcquisitionDateTime, data_set.TimezoneOffsetFromUTC = "20260304101500", "+0100"
    data_set.ContentDate, data_set.ContentTime = "20260304", "101500"
    data_set.Manufacturer, data_set.ManufacturerModelName = "Invented Optics", "Hand lens 10"
    data_set.DeviceSerialNumber, data_set.SoftwareVersions = "7", "1"
    data_set.AcquisitionContextSequence = []
    data_set.AnatomicRegionSequence = [code("5742000", "SCT", "Skin of forearm")]
    data_set.ImageLaterality = "L"
    data_set.RecognizableVisualFeatures = "NO"
    data_set.LightSourcePolarization, data_set.EmitterColorTemperature = "POLARIZED", ""
    data_set.ContactMethod, data_set.ImmersionMedia = "CONTACT", ["ULTRASOUND_GEL", "PLASTIC_CAP"]
    data_set.OpticalMagnificationFactor = "10.0"
    data_set.TrackingID, data_set.TrackingUID = "spot 3", TRACKING_UID
    data_set.SamplesPerPixel, data_set.PhotometricInterpretation, data_set.PlanarConfiguration = 3, "RGB", 0
    data_set.Rows, data_set.Columns = 2, 2
    data_set.BitsAllocated, data_set.BitsStored, data_set.HighBit, data_set.PixelRepresentation = 8, 8, 7, 0
    data_set.LossyImageCompression = "00"
    pixels = PIXELS
    if transfer_syntax == JPEGBaseline8Bit:
        # Two fragments behind an empty offset table (PS3.5, A.4); what is in them is never looked at.
        pixels = b"\xfe\xff\x00\xe0\0\0\0\0" + 2 * (b"\xfe\xff\x00\xe0\x0c\0\0\0" + PIXELS)
    data_set.add_new(0x7FE00010, "OB" if transfer_syntax != ImplicitVRLittleEndian else "OW", pixels)
    data_set["PixelData"].is_undefined_length = transfer_syntax == JPEGBaseline8Bit
    for keyword, value in attributes.items():
        if value is None:
            del data_set[keyword]
        else:
            setattr(data_set, keyword, value)
    return as_file(data_set, transfer_syntax)


#: The attributes of the Dermoscopic Image Module that say how it was looked at, all left out.
SAYS_NOTHING = dict.fromkeys(
    (
        "LightSourcePolarization",
        "EmitterColorTemperature",
        "ContactMethod",
        "ImmersionMedia",
        "OpticalMagnificationFactor",
        "TrackingID",
        "TrackingUID",
    )
)


def as_file(data_set: Dataset, transfer_syntax: str = ExplicitVRLittleEndian) -> bytes:
    meta = FileMetaDataset()
    meta.TransferSyntaxUID = transfer_syntax
    meta.MediaStorageSOPClassUID = data_set.SOPClassUID
    meta.MediaStorageSOPInstanceUID = data_set.SOPInstanceUID
    stream = BytesIO()
    dcmwrite(
        stream,
        FileDataset(stream, data_set, file_meta=meta, preamble=b"\0" * 128),
        implicit_vr=transfer_syntax == ImplicitVRLittleEndian,
        little_endian=transfer_syntax != ExplicitVRBigEndian,
        enforce_file_format=True,
    )
    return stream.getvalue()


@cache
def usual(encoding: str = "explicit") -> bytes:
    return picture(ENCODINGS[encoding])


def read(content: bytes) -> FileDataset:
    """Read a file with pydicom, the other reader."""
    return dcmread(BytesIO(content))
