"""What people see, in real Chromium. A package, so that all of it can share one."""
