package compare

import (
	"encoding/json"
	"reflect"
	"testing"
)

// FuzzParsePlan: no bytes make the reader of plan.json panic; a plan that it takes
// asks for shares of the leaf, and reads the same after it was written.
func FuzzParsePlan(f *testing.F) {
	f.Add([]byte(`{"schema":"rowlight-plan/1","trees":[{"id":{"block":"b1","row":1,"tree":2},"this_year":{"low":0.15,"high":0.25,"say":"<b>"}}]}`))
	f.Add([]byte(`{"schema":"rowlight-plan/1","trees":[{"this_year":{"low":1e308,"high":-1}}]}`))
	f.Add([]byte(`{"schema":"rowlight-plan/2"}`))
	f.Add([]byte(`[`))
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := parsePlan(data)
		if err != nil {
			if p != nil || err.Error() == "" {
				t.Errorf("%v beside %v", p, err)
			}
			return
		}
		for _, tree := range p.Trees {
			if y := tree.ThisYear; !(y.Low >= 0 && y.Low <= y.High && y.High <= 1) {
				t.Errorf("took %+v", y)
			}
			if p.of(tree.ID) == nil {
				t.Errorf("%v is not found in its own plan", tree.ID)
			}
		}
		text, err := json.Marshal(p)
		if err != nil {
			t.Fatal(err)
		}
		if back, err := parsePlan(text); err != nil || !reflect.DeepEqual(back, p) {
			t.Errorf("%+v reads as %+v, %v", p, back, err)
		}
	})
}
