"""What runs in the page, in a Worker: the host of a sheet there, and what stands in for pymunk."""
