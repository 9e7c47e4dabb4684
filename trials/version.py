"""The version of the program, where every floor can read it."""

VERSION = "0.1.0"
