"""What is left inside the seams: spoilt, cut anew, and never less than nothing."""
