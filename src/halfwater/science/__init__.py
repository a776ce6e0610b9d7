"""What physics, chemistry, biology and statistics say: pure functions, plain results."""
