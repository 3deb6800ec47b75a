"""The rules as FHIRPath constraints: conditions, fields, times, people and derived facts in terms of the resources."""
