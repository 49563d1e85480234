"""What the shop owns and knows."""
