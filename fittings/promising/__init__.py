"""What is promised: the plan of every garment in work, read from the record."""
