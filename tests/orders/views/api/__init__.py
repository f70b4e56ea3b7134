"""What programs ask and say over HTTP."""
