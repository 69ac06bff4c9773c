package drive_test
import ("testing";"fmt";"math";"math/rand/v2";"time";"bathtender/sim/plant";"bathtender/sim/scenario";"bathtender/testdata";"bathtender/hal";"bathtender/firmware/health";"bathtender/firmware/recipe";"bathtender/interlock")
func TestZ2(t *testing.T){
 sc,_:=scenario.LoadFrom(testdata.FS.ReadFile,"scenarios/fan-fails.toml")
 rng:=rand.New(rand.NewPCG(1,2))
 in,within,known:=0,0,0
 worst:=0.0
 bins:=map[int][3]int{}
 n:=1000
 for k:=0;k<n;k++{
 w:=sc.Plant.Workshop(uint64(k))
 w.Litres=3+17*rng.Float64(); w.Volts=207+46*rng.Float64(); w.Room=278.15+30*rng.Float64(); w.Bath=w.Room; w.LidOn=rng.IntN(2)==0; w.Humidity=0.3+0.5*rng.Float64()
 if k%4==3 { w.Bath=w.Room+25*rng.Float64()}
 p,_:=plant.New(sc.Plant,w)
 var mem health.Memory; var est interlock.Estimates; var ev health.Events
 var s hal.Snapshot
 out:=hal.Outputs{}
 heated:=0
 for i:=0;heated<1800;i++{
   p.Step(100*time.Millisecond); p.Read(&s)
   ev.Empty()
   health.Observe(&sc.Config.Health,&mem,&health.Input{Snapshot:&s,Commanded:out,Phase:recipe.Preheat,Recipe:&sc.Recipe.Recipe,ToCome:time.Minute},&est,&ev)
   out=hal.Outputs{Fans:true,Contactor:i>50,Heater:i>150&&(i<550||i>850),Heartbeat:i%2==0,FeedWatchdog:true}
   if out.Heater {heated++}
   p.Write(out)
 }
 truth:=p.Truth().Litres
 v,b:=float64(est.Volume.Value)/1e6,float64(est.VolumeBand)/1e6
 bin:=int(truth)/3; x:=bins[bin]; x[0]++
 if est.Volume.Valid {known++; e:=math.Abs(v-truth); if e<=b {in++; x[1]++}; if e/truth<=0.10 {within++;x[2]++} else if k%4!=3 {fmt.Printf("truth %.2f est %.2f±%.2f lid %v room %.0f bath %.0f V %.0f heat %d\n",truth,v,b,w.LidOn,w.Room-273,w.Bath-273,w.Volts,est.Heat)}; worst=max(worst,e/truth)} else { fmt.Printf("unknown truth %.2f heat %d\n",truth,est.Heat)}
 bins[bin]=x
 }
 fmt.Println(n,"known",known,"in band",in,"within 10%",within,"worst",worst,bins)
}
