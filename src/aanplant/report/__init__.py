"""Papers for people: the sheet of the block, the tape-and-pegs sheet, charts."""
