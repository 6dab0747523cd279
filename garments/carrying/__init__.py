"""The pattern's memory of one garment: what is proposed to carry, and what was answered."""
