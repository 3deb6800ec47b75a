"""CodeSystems, ValueSets, ConceptMaps and NamingSystems, made from the vocabulary."""
