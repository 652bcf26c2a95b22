"""From YAML files to recipes and scenarios, with every fault named by file and line."""
