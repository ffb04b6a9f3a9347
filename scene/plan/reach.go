package plan

import (
	"undercroft/scene"
	"undercroft/scene/unit"
)

// rawReach is a place a hand must get to.
type rawReach struct {
	name  val[string]
	on    val[string]
	at    val[*rawAt]
	task  val[string]
	hands val[int]
	size  val[unit.Length]
	swing val[unit.Length]
}

var reachShape = object("a place",
	key("name", func(p *rawReach) *val[string] { return &p.name }, name, "What the place is called.").
		needed("write name: with a word of your own"),
	key("on", func(p *rawReach) *val[string] { return &p.on }, text,
		"The thing or fixture it is on, which the hand may touch."),
	key("at", func(p *rawReach) *val[*rawAt] { return &p.at }, pointShape,
		"The point the hand closes on, from the cabinet's inside faces and the cabinet bottom.").
		needed("write at: {left: 15, front: 6, up: 17}"),
	key("task", func(p *rawReach) *val[string] { return &p.task }, words("a task", "press", "turn", "grip", "plug", "lift"),
		"What the hand does: press, turn, grip, plug or lift.").needed("write task: press, turn, grip, plug or lift"),
	key("hands", func(p *rawReach) *val[int] { return &p.hands }, whole(1, 2), "How many hands: 1 (default) or 2."),
	key("size", func(p *rawReach) *val[unit.Length] { return &p.size }, size, "What the hand closes round."),
	swingKey,
)

// reach fills in the places a hand must get to.
func (b *builder) reach() {
	have := map[string]where{}
	among := b.things("")
	if b.raw.sump.given {
		among = append(among, "sump")
	}
	for _, v := range b.raw.reach.v {
		if !v.ok {
			continue
		}
		p := v.v
		b.unique(have, p.name)
		b.known(p.on, "thing or fixture", among)
		if !p.at.ok {
			continue
		}
		b.s.Reach = append(b.s.Reach, scene.Place{
			Name: p.name.v, On: p.on.v, At: p.at.v.point(b.s.Cabinet.Inside()),
			Task: p.task.v, Hands: p.hands.or(1), Size: p.size.v, Swing: p.swing.v,
		})
	}
}
