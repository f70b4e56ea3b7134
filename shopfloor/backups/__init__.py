"""Nothing is lost: copies of everything, kept, checked and put back."""
