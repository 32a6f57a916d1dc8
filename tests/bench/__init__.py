"""What the project promises, measured: ratios within one run, so that another machine can check them."""
