"""What the house writes to its customers, and when it goes out."""
