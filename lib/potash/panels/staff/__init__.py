"""What staff see: the review desk and how the items did."""
