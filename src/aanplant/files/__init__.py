"""Readers and writers of outside formats, one module a format family."""

from aanplant.files.estate_folder import BlockFolder, open_block, read_inputs

__all__ = ["BlockFolder", "open_block", "read_inputs"]
