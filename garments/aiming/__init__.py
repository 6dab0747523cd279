"""What a garment is aimed at, what the customer wishes otherwise, and how it came out."""
