// Package plan reads plan files into scenes.
//
// A plan is YAML, TOML or JSON. Each format is read into one tree of nodes that
// know where they stand (tree.go, yaml.go, toml.go, json.go). One walker
// (shape.go) takes the tree apart by one table of keys, which also writes the
// JSON schema (schema.go); so a key is known to the reader and to the schema or
// to neither. What the keys say together is then checked and turned into a
// scene, every position resolved. All errors are found in one go; each knows
// its line, column and key path.
//
// # Adding a key
//
// A family of keys lives in a file of its own (cabinet.go, display.go, sump.go,
// things.go, reach.go, floor.go, stand.go, keys_water.go, keys_reach.go, keys_service.go): the raw
// struct of what the plan says, a table of its keys, and a method of builder that
// fills the scene. To add a key:
//
//  1. add a field val[T] to the raw struct,
//  2. add a row to the table: key(name, where it goes, shape, text for the
//     schema), with .needed(hint) where it cannot be left out,
//  3. use it in the method of builder: val.ok tells that it was given and
//     understood, val.at where it stands, for errors; whatever the plan leaves
//     out and the program fills in is told with builder.assume.
//
// A shape says what a value may be: size, distance, offset, text, name, choice,
// yesNo, number, whole, listOf, fixed, object, either and the rest of shape.go
// and shapes.go. For a new family, add its raw struct to rawPlan, one row to
// planKeys and one call to builder.build.
package plan
