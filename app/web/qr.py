"""QR codes as images inside the page: nothing is fetched for them, and nothing is kept."""


def qr_image(text: str) -> str:
    """A `data:` address of an SVG with this text as a QR code: black on white with the quiet zone that cameras need."""
    import segno  # loaded at the first invitation, which most starts never make: ten milliseconds

    return str(segno.make(text, error="m", micro=False).svg_data_uri(scale=8, border=4, dark="#000", light="#fff"))
