"""What the pages show, as small objects: the model is called here, templates only print."""
