package main

import "strings"

// words joins names as a sentence does.
func words(names []string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	last := len(names) - 1
	return strings.Join(names[:last], ", ") + " and " + names[last]
}

// plain are the characters that no shell takes for its own.
const plain = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789._/-+@%,:="

// quote writes a file's name the way a shell reads it back.
func quote(name string) string {
	if name != "" && strings.Trim(name, plain) == "" && name[0] != '-' {
		return name
	}
	return "'" + strings.ReplaceAll(name, "'", `'\''`) + "'"
}
