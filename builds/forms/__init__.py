"""Forms: text from people turned into typed values, by subject."""
