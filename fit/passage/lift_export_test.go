package passage

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
