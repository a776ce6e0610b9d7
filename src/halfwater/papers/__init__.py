"""What is printed, sent or put on a page elsewhere: plain data in, text out."""
