"""drydown: watches a biodiesel finishing tank."""
