"""The square code that leads from paper back to the plan."""

from __future__ import annotations

from io import BytesIO

from partline.errors import InputError


def qr_svg(link: str) -> str:
    """Return a QR of an address as SVG, quiet zone included.

    Parameters
    ----------
    link : str
        What a phone reads.

    Returns
    -------
    str
        SVG, black on white; a quarter of it may be stained and it still reads.

    Raises
    ------
    InputError
        If there is no address, or it is longer than a QR holds.
    """
    import segno

    if not link.strip():
        raise InputError(
            "The card has no address for its QR.", field="link", remedy="Give the plan's address."
        )
    try:
        code = segno.make_qr(link, error="q", boost_error=False)
    except segno.DataOverflowError:
        raise InputError(
            f"The address has {len(link)} characters, more than a QR holds.",
            field="link",
            remedy="Give a shorter one.",
        ) from None
    buffer = BytesIO()
    code.save(buffer, kind="svg", border=4, xmldecl=False)
    return buffer.getvalue().decode()
