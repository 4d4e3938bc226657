"""Acts on parts, operations, batches, suppliers and files: each one either happens whole or not at all."""
