"""A picture's columns as data frames: to be grouped and sorted where a test looks at them."""

import pandas as pd


def frames(tables):
    """Each table of a picture as a frame."""
    return {name: pd.DataFrame(columns) for name, columns in tables.items()}
