"""Line formats: whole lines in, rows of values out."""

from trials.logger.lines.delimited import DelimitedReader
from trials.logger.lines.key_value import KeyValueReader
from trials.logger.lines.rows import LineReader, Rows
from trials.logger.lines.shdr import ShdrReader

__all__ = ["DelimitedReader", "KeyValueReader", "LineReader", "Rows", "ShdrReader"]
