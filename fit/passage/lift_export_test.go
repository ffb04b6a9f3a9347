package passage

import "undercroft/scene/solid"

// Uphill returns the step, of at most reach along each of dirs, after which the least
// of gap + slope·step is greatest, up to enough, and what it is then.
func Uphill(gaps []float64, slopes, dirs [][6]float64, reach, enough float64) ([6]float64, float64) {
	var rows []row
	for i := range gaps {
		rows = append(rows, row{gaps[i], slopes[i]})
	}
	var along []step
	for _, d := range dirs {
		along = append(along, d)
	}
	return uphill(rows, along, reach, enough)
}

// Lifted lifts the way straight out of the opening, above its place by so much, and returns up to which depth the thing
// reaches where that begins then, beyond where all of it is outside; ok is false where
// there is no way so near.
func Lifted(j *Job, above float64) (within float64, ok bool) {
	p := j.pose()
	l := p.lifter(sliver, nil)
	up := p.placed(p.ref, solid.Rest.Turn)
	up.Shift.Z += above
	out := up
	out.Shift.Y += p.outside - solid.BoundsOf(p.moving()...).Max.Y
	way, ok := l.lift([]solid.Pose{out, up, p.placed(p.ref, solid.Rest.Turn)})
	if !ok {
		return 0, false
	}
	return solid.BoundsOf(l.at(way[0])...).Max.Y - p.outside, true
}
