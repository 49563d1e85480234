"""What each sheet of paper says, as plain pages."""
