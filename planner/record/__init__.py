"""As-built readings, sign-off and handover."""
