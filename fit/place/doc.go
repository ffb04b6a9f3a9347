// Package place finds places for the things of a plan that have none yet, so that
// all checks come out as ok and the least room to spare is largest. What has a place
// keeps it.
//
// Where things may stand is decided with boxes round their parts, along the walls and
// turned by quarters (fit/internal/arrange): the best places first. Each is written
// into the plan, rounded to what a tape tells, and the plan read and checked again:
// what a check of ways, hands or water takes exception to is given up for the next.
// What is promised is what the checks say of the plan as it is written.
//
// Things that find no places together are told in sets that are as small as can be:
// with any of them left out, the others find places. That they cannot stand together
// is said to be shown only where boxes inside of what is sure, each smaller by the
// tape's error, cannot: turned by quarters, each standing on what it stands on. What
// the search merely did not find is not found.
package place
