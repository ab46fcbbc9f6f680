"""The look."""

PICTURE_STYLE = {"font.size": 10}
