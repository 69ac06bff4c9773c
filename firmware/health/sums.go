package health

// sums is a linear least-squares fit y = a x - b l + c that takes in one sample
// after another and forgets none: the normal equations, which is recursive least
// squares with a forgetting factor of 1 in another form. The samples should be
// of moderate size, since their squares are kept.
type sums struct {
	n             float64
	xx, xl, x     float64
	ll, l         float64
	xy, ly, y, yy float64
}

// add takes in one sample.
func (s *sums) add(x, l, y float64) {
	s.n++
	s.xx += float64(x * x)
	s.xl += float64(x * l)
	s.x += x
	s.ll += float64(l * l)
	s.l += l
	s.xy += float64(x * y)
	s.ly += float64(l * y)
	s.y += y
	s.yy += float64(y * y)
}

// belief is what is held of the parameters before any sample, as weights in
// units of a sample's: how firmly b is a, how firmly b and c are 0.
type belief struct{ ratio, b, c float64 }

// fit is the outcome of a fit.
type fit struct {
	a, b, c float64
	// variance is that of a for samples with a variance of 1.
	variance float64
	// sse is the sum of the squared residuals, beliefs included.
	sse float64
	ok  bool
}

// solve returns the fit of all samples so far; ok is false where they do not
// settle the parameters.
func (s *sums) solve(p belief) fit {
	// The normal equations, symmetric: rows and columns a, b, c.
	aa, ab, ac := s.xx+p.ratio, -s.xl-p.ratio, s.x
	bb, bc := s.ll+p.ratio+p.b, -s.l
	cc := s.n + p.c
	ra, rb, rc := s.xy, -s.ly, s.y
	// Cofactors of the first row, and the determinant.
	maa := float64(bb*cc) - float64(bc*bc)
	mab := float64(ac*bc) - float64(ab*cc)
	mac := float64(ab*bc) - float64(ac*bb)
	det := float64(aa*maa) + float64(ab*mab) + float64(ac*mac)
	if !(det > 0) || !(maa > 0) {
		return fit{}
	}
	mbb := float64(aa*cc) - float64(ac*ac)
	mbc := float64(ab*ac) - float64(aa*bc)
	mcc := float64(aa*bb) - float64(ab*ab)
	f := fit{ok: true, variance: maa / det}
	f.a = (float64(maa*ra) + float64(mab*rb) + float64(mac*rc)) / det
	f.b = (float64(mab*ra) + float64(mbb*rb) + float64(mbc*rc)) / det
	f.c = (float64(mac*ra) + float64(mbc*rb) + float64(mcc*rc)) / det
	f.sse = max(s.yy-float64(f.a*ra)-float64(f.b*rb)-float64(f.c*rc), 0)
	return f
}
