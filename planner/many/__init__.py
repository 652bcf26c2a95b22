"""Many weeks planned side by side: in processes of this machine, or on a cluster."""
