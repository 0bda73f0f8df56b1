"""What is asked of a setup: rule, table, lever and source files, compiled into typed objects."""
