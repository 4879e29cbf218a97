"""What has been kept, and whether instrument or material has moved."""
