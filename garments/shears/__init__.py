"""Before the shears: what must be clean before cloth is cut, and the sheet the cutter works by."""
