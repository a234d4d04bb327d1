"""Making up a train in a yard of sidings worked from a headshunt."""
