package drive_test
import ("testing";"fmt";"math/rand/v2";"time";"bathtender/sim/plant";"bathtender/sim/drive";"bathtender/sim/scenario";"bathtender/testdata";"bathtender/hal";"bathtender/firmware/recipe";"bathtender/firmware/setup")
func TestZ3(t *testing.T){
 sc,_:=scenario.LoadFrom(testdata.FS.ReadFile,"scenarios/fan-fails.toml")
 var files []*recipe.File
 for _,n:=range []string{"gentle","heavy","degas"} { d,_:=testdata.FS.ReadFile("recipes/"+n+".toml"); f,err:=recipe.Parse(n,d); if err!=nil{t.Fatal(err)}; files=append(files,f)}
 cfg,err:=setup.Supervisor(sc.Machine,files); if err!=nil{t.Fatal(err)}
 rng:=rand.New(rand.NewPCG(1,2))
 worst:=-99.0; trips:=map[string]int{}; over:=0; said:=map[string]int{}
 n:=200
 ends:=map[string]int{}
 for k:=0;k<n;k++{
 w:=sc.Plant.Workshop(uint64(k))
 r:=files[k%3].Recipe
 w.Litres=15.5+6*rng.Float64(); w.Volts=207.5+45*rng.Float64(); w.Room=278.15+30*rng.Float64(); w.LidOn=true; w.Humidity=0.3+0.5*rng.Float64()
 w.Bath=max(w.Room, float64(r.Set)/1e9-15+14*rng.Float64())
 p,_:=plant.New(sc.Plant,w)
 s:=drive.New(cfg,p)
 top:=0.0
 phase:=recipe.Idle
 began:=false
 for s.Now()<6*time.Hour { req:=hal.Request{}
   if s.Now()==10*time.Second || s.Supervisor.Status().Phase==recipe.TurnOver { req=hal.Request{Verb:hal.Start,Recipe:r.Name} }
   s.Tick(req)
   phase=s.Supervisor.Status().Phase
   if phase!=recipe.Idle {began=true}
   if began&&phase==recipe.Idle {break}
   tr:=p.Truth(); if phase.Underway() {top=max(top,tr.Bath)}
   for _,e:=range s.Events { if e.Interlock.Kind==1 { trips[s.Supervisor.Sentence(e)]++}; if e.Health.Kind!=0 {said[s.Supervisor.Sentence(e)]++}; if e.Sequence.Kind==recipe.Ended {ends[s.Supervisor.Sentence(e)]++} }
 }
 o:=top-float64(r.Limit)/1e9
 worst=max(worst,o); if o>0.5 {over++; fmt.Printf("%s over %.2f room %.0f V %.0f l %.1f\n",r.Name,o,w.Room-273,w.Volts,w.Litres)}
 }
 fmt.Println("worst",worst,"over",over,"trips",trips,"said",said,ends)
}
