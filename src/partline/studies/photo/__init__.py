"""A photo on the printed card: found, judged fit or refused, measured; the photo is untouched."""

from partline.studies.photo.chip import ChipStep, read_chip
from partline.studies.photo.header import Header, read_header
from partline.studies.photo.measure import (
    CardPhoto,
    measure_bait,
    measure_slice,
    read_card_photo,
)
from partline.studies.photo.refusal import PhotoRefused, Reason
from partline.studies.photo.results import BaitMeasure, Shot, SliceMeasure
from partline.studies.photo.stripping import stripped_copy
from partline.studies.photo.things import Pointed

__all__ = [
    "BaitMeasure",
    "CardPhoto",
    "ChipStep",
    "Header",
    "PhotoRefused",
    "Pointed",
    "Reason",
    "Shot",
    "SliceMeasure",
    "measure_bait",
    "measure_slice",
    "read_card_photo",
    "read_chip",
    "read_header",
    "stripped_copy",
]
