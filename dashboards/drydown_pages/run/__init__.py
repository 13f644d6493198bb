"""What the page of a run says: from what was recorded to sentences, rows, marks and beliefs."""
