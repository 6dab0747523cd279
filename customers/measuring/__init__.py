"""Measures on the tablet: taken, corrected, shown and compared, each set as one."""
