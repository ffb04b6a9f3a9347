package verdict

import (
	"context"
	"time"
)

type limitKey struct{}

// WithLimit returns a context in which each finding may be searched for as long
// as d; 0 is no limit. What is then open stays unsure.
func WithLimit(ctx context.Context, d time.Duration) context.Context {
	if d <= 0 {
		return ctx
	}
	return context.WithValue(ctx, limitKey{}, d)
}

// Limited returns the context for one finding.
func Limited(ctx context.Context) (context.Context, context.CancelFunc) {
	if d, ok := ctx.Value(limitKey{}).(time.Duration); ok {
		return context.WithTimeout(ctx, d)
	}
	return ctx, func() {}
}
