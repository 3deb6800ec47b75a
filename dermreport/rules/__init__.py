"""What must hold, red flags, and completeness: small declarative tables and one engine."""
